"""What a visit is made of beside the traffic: sessions, ports taken and given back, jobs, marks."""
