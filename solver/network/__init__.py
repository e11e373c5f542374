"""From a half-filled list and a catalogue to variables and tables; the last module that knows what a bicycle is."""
