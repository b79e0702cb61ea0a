"""The page Trend: values over time, live and from the record."""
