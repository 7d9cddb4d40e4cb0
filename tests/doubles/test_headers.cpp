// No text of its own: the target of this file compiles the headers of GoogleTest and GoogleMock for all tests.
// One reason to change: none.
