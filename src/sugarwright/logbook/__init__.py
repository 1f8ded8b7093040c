"""The record: what happened, as told by people and sensors; nothing written is ever overwritten."""
