"""One module a command; each gives HELP, add_arguments(parser) and run(args)."""
