"""Figures to pages: the page list, templates, Markdown, drawings, feed and data, and whole output."""
