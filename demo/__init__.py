"""An invented organisation with two weeks of simulated life."""
