"""Which of the things that the work disturbed most likely caused the new codes."""
