"""Best numbers of a recipe for a goal under limits, and the trade-off between two goals."""
