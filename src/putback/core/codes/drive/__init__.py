"""A drive before and a drive after: what was logged, and what differs where both drives did the same."""
