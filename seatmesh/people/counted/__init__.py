"""Shares of a weighted sample with their sampling error, counted part by part."""
