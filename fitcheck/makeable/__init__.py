"""What the workshop makes for a layout: pieces to cut, gauges, a dummy module, with remarks for the shop."""
