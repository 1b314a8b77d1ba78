// Shows openapi.json in the page /api/docs; no outside validator is asked.
window.SwaggerUIBundle({
  url: '/api/openapi.json',
  dom_id: '#docs',
  deepLinking: true,
  validatorUrl: null,
})
