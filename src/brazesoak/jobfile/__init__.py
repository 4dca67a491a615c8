"""The job file: its keys, its units, its reader."""
