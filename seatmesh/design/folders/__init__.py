"""Folders of what is made: results of an order, sheets and prints, all of a folder or none."""
