"""Reading the files of data loggers. All files here are invented."""
