"""Numbers learnt from data: fits, forecasts, comparisons, further runs."""
