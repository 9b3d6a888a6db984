"""What every room needs: records, flags, frames, files, arguments, numbers with units, layout."""
