"""What goes wrong when addresses are set by hand: one file a mistake, joined in `table`."""
