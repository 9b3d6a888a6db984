"""Many members of one recipe: its bath and its life at many values of its numbers."""
