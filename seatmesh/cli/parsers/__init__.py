"""What each command takes on the command line; nothing heavy is imported here."""
