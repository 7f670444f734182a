"""Parse, call the app, show. Faces decide nothing."""
