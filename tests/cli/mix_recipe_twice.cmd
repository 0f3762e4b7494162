mix mix_whole.json --set '/slip/lines=[{"material":"quartz","parts":1}]'
