"""What stands between the pages and the desk: the bench that is open, its threads, the leads as they are now."""
