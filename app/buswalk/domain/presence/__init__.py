"""Who is quiet: all that answer are asked in turn, so that a plug that is pulled shows who hangs behind it."""
