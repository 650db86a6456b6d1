"""The drawing room: chalk sheets, milling order, labels and charts, recorded once and written as SVG, PDF and HTML."""
