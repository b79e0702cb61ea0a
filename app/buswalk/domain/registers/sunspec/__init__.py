"""Self-describing maps of the open SunSpec standard: a marker, then a chain of models, each with number and length."""
