"""Results as texts, pages and JSON documents."""
