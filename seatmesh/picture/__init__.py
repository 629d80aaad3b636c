"""picture"""
