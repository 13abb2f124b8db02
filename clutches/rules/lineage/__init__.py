"""Who descends from whom, how closely animals are related, who may be a sire."""
