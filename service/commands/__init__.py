"""What each command does; a module is imported when one of its commands is run, since start-up is counted."""
