"""The command line: data on stdout, narration on stderr, exit codes. It shows; the service works out."""
