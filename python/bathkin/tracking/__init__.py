"""A bath followed along its log: where it stands today, and when it must go."""
