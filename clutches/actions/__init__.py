"""What we do about breeding: one function a verb."""
