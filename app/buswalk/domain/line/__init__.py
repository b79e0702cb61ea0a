"""What a serial line is to this program: settings, times, arrivals, and the two protocols."""
