"""A person looks a draft over; every step is kept, and nothing is firm before it is confirmed."""
