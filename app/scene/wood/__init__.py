"""Wood by the point: rings, pores, rays and fibre as a function of where one is in the blank.

``looks`` says what each species looks like; ``table`` lays a lay-up out as texels that the shader reads;
``shader`` and ``twin`` are the same function twice, for the screen and for numpy; ``finish`` puts it on the
bodies of a scene. What one is changed to, the other must be: a test holds them to each other.
"""
