"""Shapes of requests and answers. The same classes validate what comes in and write the OpenAPI document."""
