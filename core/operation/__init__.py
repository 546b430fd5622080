"""What whoever runs the service needs: whether it serves, and what it did."""
