"""The page Find: Search and Ping, two views of one page that keep their states."""
