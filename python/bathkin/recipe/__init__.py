"""Recipes: a bath as a document whose numbers all have a path."""
