"""Readers of tables: runs, logs, their headings, cells and times."""
