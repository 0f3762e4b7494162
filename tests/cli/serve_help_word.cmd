help serve
