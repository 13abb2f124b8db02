"""What an animal has to pass before it leaves: each gate open or shut, and why."""
