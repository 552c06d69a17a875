"""One function a use case; both skins call only this room."""
