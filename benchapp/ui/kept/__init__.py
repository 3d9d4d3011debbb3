"""What is remembered between starts, and the steps of the job."""
