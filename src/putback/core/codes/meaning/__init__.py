"""What codes, status bytes, live values, monitors, readiness and vehicle numbers mean, from their bytes."""
