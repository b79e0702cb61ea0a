"""Values over time: series with their gaps, what can be said of them, and what a screen needs to draw them."""
