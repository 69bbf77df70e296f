"""What stands before the mock camera, in linear light and in focus."""

from mocks.scenes.layers import Layer, Scene, compose
from mocks.scenes.portrait import maker
from mocks.scenes.product import bowl

__all__ = ["Layer", "Scene", "bowl", "compose", "maker"]
