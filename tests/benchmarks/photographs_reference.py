"""Photographs on which nothing of `tether.sharpness.relative` was tuned."""

from __future__ import annotations

from calibration.photographs import Photograph

UNSEEN = (
    Photograph(
        "opencv-doc",
        "examples/data/aloeL.jpg",
        "cce5736808efe80d9f04b118dbb978c344d4345672b332718c3e039a3eeb8eee",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/board.jpg",
        "4c9a24ba67138ad5486d550f586cc5dd1161be112f1c1bea336d6c550cdf255f",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/chicky_512.png",
        "4d2cf040de084fd3f34d5e3f96f1251faaa4787c1ac3b548fec5809a0d01854e",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/graf1.png",
        "1504b769303c7bde00fa578eeaad3c68e02aceabeb1242e556f1f8d19e4bdea5",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/messi5.jpg",
        "1d570e49654e84c7a943918537bd9e5e1ef82920152e147c834006e235be97c9",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext01.jpg",
        "7f3041a7019ab4d33d2452bc757d8c4f38616bfde71431e12f7ec370d7b2018e",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext04.jpg",
        "28e08d142a04f92f96d01ff2674f7804321841cba95bd968980cdc85ef0af6df",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext05.jpg",
        "63985ac1a9989a8320605d5be0ec285af0c6304a78cc9cc5de6c2c7c435f7c0b",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext_segmented_word02.jpg",
        "1c648c38ebf826968e5daacde0b6845ecfd824420de17a3132096056aa12a6c2",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext_segmented_word04.jpg",
        "43524ab83453638e1f4e1aae64c50ecee898cf687612ffec6937ff7e6fd30a35",
    ),
    Photograph(
        "palapeli-data",
        "castle-maintenon.jpg",
        "f4a6bf48b97d97715413f9ebd2d8744bd46df0e492bc8326e2513d51084f2612",
    ),
    Photograph(
        "palapeli-data",
        "citrus-fruits.jpg",
        "0cbd7154a14789803167c86705130d0358875198231269df168ea26224e70848",
    ),
    Photograph(
        "palapeli-data",
        "european-honey-bee.jpg",
        "9d54ae706bddd899c91b2b801d9ca4556a5a9a399b4043f9d539df62a8cb7f27",
    ),
)
