"""What the panel shows and keeps: alarms, lamps, counters, settings; how outputs are energised."""
