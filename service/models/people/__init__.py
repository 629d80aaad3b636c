"""Answers about people not yet met."""
