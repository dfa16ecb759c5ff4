"""The command line: parse, call, print text or JSON, exit code. Holds no logic."""
