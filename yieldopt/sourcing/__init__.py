"""What to buy: resaw thick stock or buy thin, at which price it turns, which grade, how much."""
