"""What goes home with an animal: built, frozen, numbered, checked."""
