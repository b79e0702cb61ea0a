"""Who falls back when nobody asks: which devices are known to, and for how long each was not asked."""
