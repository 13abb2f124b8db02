"""Words that the templates say."""
