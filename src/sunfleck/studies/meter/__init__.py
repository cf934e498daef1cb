"""The meter round: where readings are taken, and what they say."""
