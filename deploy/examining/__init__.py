"""What `deploy/doctor` looks at, and how it says what it finds."""
