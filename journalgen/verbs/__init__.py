"""The verbs, each a command of its own. What one needs is imported when it runs."""
