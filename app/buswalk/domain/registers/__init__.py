"""What registers mean: tables, notations, value types, points and profiles, and how all of it is read and found out."""
