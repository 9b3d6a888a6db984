"""The life of a bath, and what one asks of it: plans, costs, strategies, sensitivities."""
