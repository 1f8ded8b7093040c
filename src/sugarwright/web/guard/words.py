"""Plain words that are easy to read, to say across a room and to type; 256 of them, 8 bits each."""

from __future__ import annotations

_TEXT = """
    acorn anchor apple apron arrow autumn bacon badge bagel bamboo banjo barn basin basket
    beak bean bell belt bench berry bicycle birch biscuit blanket blossom boat bolt book
    boot bottle bowl branch brick bridge broom brush bucket buckle butter button cabbage
    cabin cable camp canal candle canoe canvas carrot castle cedar chain chair chalk
    cherry chess chicken chimney cider clay cliff clock cloud clover coffee collar comet
    copper coral cork cotton cradle crane crayon creek crown cup curtain daisy deer
    diamond dinner dish dolphin donkey door drawer dress drum duck eagle elbow elk engine
    fabric falcon feather fence fern ferry fiddle field finger flag flannel flour flute
    fork fossil fox frog garden gate ginger giraffe glacier glass glove goose granite
    grape grass guitar hammock harbor harp hat hawk hedge helmet heron hill honey hook
    island ivory jacket jam jelly kayak kettle key kite kitten lake lamp lantern lark
    laundry leaf letter lily linen lion lizard locket log lunch magnet mango market marsh
    meadow melon mirror mitten moose moss motor mountain muffin napkin nature necklace
    needle nest night noodle north nutmeg oak ocean onion opal orange orchard otter owl
    oyster paddle paint palace panther paper parade parrot parsley pasture peanut pebble
    pelican pencil penguin piano pickle pillow pilot pine planet plank plum pocket pond
    pony potato pumpkin puppet puzzle quilt radish raft ranch raven ribbon robin rocket
    saddle sailor salmon sandal shadow shovel silver spider spoon squash stable summer
    sunset tablet thunder ticket tiger timber tomato tractor tulip tunnel turkey turtle
    valley violin wagon walnut willow window
"""

WORDS = tuple(_TEXT.split())
