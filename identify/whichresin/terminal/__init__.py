"""Screens and plain lines for people. Asks the session what to show, hands back an event; decides nothing."""
