"""A fresh bath, what it does to a surface, and what it answers about other states."""
