"""The same bath at many settings."""
