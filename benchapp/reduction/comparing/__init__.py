"""Sets side by side: what differs, what cannot be told, which is quickest. Pure, and told no time."""
