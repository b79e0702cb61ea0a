"""What is heard on a line where others talk: bytes to frames, frames to exchanges, exchanges to who asks whom."""
