"""Published relations, pure functions of SI floats and arrays, by discipline."""
