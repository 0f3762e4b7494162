shad
