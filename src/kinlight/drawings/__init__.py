"""A plan as drawings: floor plan, front views and stop ladder, each as SVG text in millimetres."""
