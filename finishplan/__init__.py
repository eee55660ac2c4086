"""finishplan: plans the service of a polyester piano finish, and says why."""

__version__ = "0.1.0"
