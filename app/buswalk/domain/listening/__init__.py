"""From bytes heard to frames: what can be told without sending."""
