"""Point lists as makers and planners write them: rows of a table into points, with a sentence for each doubt."""
