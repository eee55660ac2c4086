"""What was found on the instrument: the job file, film readings, defects."""
