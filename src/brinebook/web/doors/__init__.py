"""What stands between the network and the pages: who may come in, from where, and with how much."""
