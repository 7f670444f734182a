"""Lists of codes: our own form, and whatever text another tool printed."""
