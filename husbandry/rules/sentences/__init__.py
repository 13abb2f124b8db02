"""From a finding's kind and evidence to the words a person reads."""
