"""Files of data loggers: from bytes to readings, with a reason for each refusal."""
