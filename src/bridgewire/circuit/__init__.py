"""From the model to electrical networks: what hangs where, and through what resistance."""
