move_cone move_cone_example.json --set '/stock=["quartz","kaolin"]'
