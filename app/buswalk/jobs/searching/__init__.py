"""The search: finds which address and setting answer, when nobody knows."""
