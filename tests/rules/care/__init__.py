"""Rules of daily care: tables worked by hand, and laws."""
