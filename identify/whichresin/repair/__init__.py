"""From what is believed and known of a part to the repair: understanding of words, decision, plan."""
