"""A camera that is not there: PTP (ISO 15740) over TCP/IP on loopback, with faults on request."""
