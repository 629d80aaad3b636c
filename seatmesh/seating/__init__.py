"""seating"""
