"""Workbooks, pages and pictures written."""
