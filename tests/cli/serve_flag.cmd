serve --studio-netwrok
